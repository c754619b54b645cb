"""Migrations of the record."""
