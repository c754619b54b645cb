"""lacwright: finishing wood with shellac, computed and remembered."""

__version__ = "0.1.0"
