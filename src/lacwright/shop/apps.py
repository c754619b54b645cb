"""The record as an application of Django."""

from __future__ import annotations

from django.apps import AppConfig


class ShopConfig(AppConfig):
    """Name and label."""

    name = "lacwright.shop"
    label = "shop"
    default = True
