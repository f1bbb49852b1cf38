"""Out: renderers of an answer. They compute nothing and compose no sentence."""
