"""What can be said: one table a file, each row with its code, display, definition, other names and basis."""
