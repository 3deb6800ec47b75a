"""The project: settings, addresses, the log."""
