"""Tree: the data of an answer, declared once; see `answer.declared`."""
