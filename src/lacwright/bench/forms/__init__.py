"""Forms, one file a room of pages."""
