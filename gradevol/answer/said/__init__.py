"""Said: statements of a result, a module for each topic; see `answer.statement`."""
