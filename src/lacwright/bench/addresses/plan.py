"""Addresses of: plan. They belong to the pieces, and begin with their word."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import pieces, plan

urlpatterns: list[URLPattern] = [
    path("plan", pieces.text, name="pieces-plan"),
    path("plan/of/<name:name>", plan.of_piece, name="pieces-plan-of"),
    path("plan/job/<name:name>", plan.of_job, name="pieces-plan-job"),
    path("plan/draft/<str:sha>", plan.page, name="pieces-plan-draft"),
    path("plan/change/<str:sha>", plan.keep_change, name="pieces-plan-change"),
    path("plan/start/<str:sha>", plan.start, name="pieces-plan-start"),
    path("plan/days/<str:sha>", plan.days, name="pieces-plan-days"),
    path("plan/air/<str:sha>", plan.air, name="pieces-plan-air"),
    path("plan/film/<str:sha>/<name:part>", plan.film, name="pieces-plan-film"),
]
