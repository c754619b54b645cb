"""The pages as an application of Django."""

from __future__ import annotations

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Name and label."""

    name = "lacwright.bench"
    label = "bench"
    default = True
