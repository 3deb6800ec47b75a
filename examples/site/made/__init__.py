"""Pages of the documentation that are made of the library's own tables when the site is built."""
