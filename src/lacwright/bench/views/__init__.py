"""Views: parse, call, render."""
