"""The typed model of one examination and of a visit, and the one exact reader of entries."""
