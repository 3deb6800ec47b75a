"""The application: a form, a record whose revisions are only added to, exports."""
