"""What is said of a result: a module a topic, each fact once, in trade English.

`topics.tell_topics` tells all of it, ``tell_<topic>(result)`` one topic, as a tuple that is empty
where there is nothing to tell; ``say_...`` are words that several topics share. Nothing here knows
of files, markup or paper. Numbers that are said stand in the data under the keys of their figures.
"""
