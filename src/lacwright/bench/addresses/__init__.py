"""Addresses, one file a room of pages."""
