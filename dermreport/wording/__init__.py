"""What the library says in sentences: one table of the entry's items and the words made of it.

A report's narrative and a letter are made of the same sentences. Everything here is plain text; whoever prints it
escapes it.
"""
