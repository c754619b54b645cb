"""Names of things in addresses: any name that the record takes, slashes and dots included."""

from __future__ import annotations

import re

from django.urls import register_converter
from django.urls.converters import PathConverter

_DOTS = re.compile(r"(?<![^/])(~*)(\.{1,2})(?![^/])")
_KEPT = re.compile(r"(?<![^/])~(~*)(\.{1,2})(?![^/])")


class Name(PathConverter):
    """A name at the end of an address.

    A browser takes "." and ".." between slashes for steps in a folder before it asks anybody, so
    they stand in the address as "~." and "~..".
    """

    def to_python(self, value: str) -> str:
        """Return the name."""
        return _KEPT.sub(r"\1\2", value)

    def to_url(self, value: str) -> str:
        """Return the name as it stands in the address."""
        return _DOTS.sub(r"~\1\2", value)


register_converter(Name, "name")
