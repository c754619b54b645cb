"""Addresses of: settings."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import customers, readings, settings

urlpatterns: list[URLPattern] = [
    path("settings", settings.page, name="settings"),
    path("settings/zone", settings.zone, name="settings-zone"),
    path("settings/currency", settings.currency, name="settings-currency"),
    path("settings/figures", settings.figures, name="settings-figures"),
    path("settings/figures/of/<name:name>", settings.figure, name="settings-figure"),
    path("settings/figures/reset/<name:name>", settings.reset, name="settings-figure-reset"),
    path("settings/air", readings.page, name="settings-readings"),
    path("settings/air/add", readings.add, name="settings-readings-add"),
    path("settings/air/import", readings.table, name="settings-readings-import"),
    path("settings/customers", customers.page, name="settings-customers"),
    path("settings/customers/add", customers.add, name="settings-customers-add"),
    path("settings/customers/of/<name:name>", customers.one, name="settings-customers-one"),
    path("settings/customers/change/<name:name>", customers.change,
         name="settings-customers-change"),
]  # fmt: skip
