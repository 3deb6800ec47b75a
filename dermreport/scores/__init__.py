"""Published scores: one method a file, one engine that reads them."""
