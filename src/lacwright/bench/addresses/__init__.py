"""Addresses, one file a room of pages."""

from lacwright.bench.addresses import names as names
