"""Addresses of: jars, pads and brushes."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import jars, jars_change, jars_make, pads, proving

urlpatterns: list[URLPattern] = [
    path("jars", jars.listed, name="jars"),
    path("jars/mix", jars_make.mix, name="jars-mix"),
    path("jars/fill", jars_make.fill, name="jars-fill"),
    path("jars/one/<path:name>", jars.one, name="jars-one"),
    path("jars/cut/<path:name>", jars_make.correct, name="jars-correct"),
    path("jars/add/<path:name>", jars_make.add, name="jars-add"),
    path("jars/pour/<path:name>", jars_change.pour, name="jars-pour"),
    path("jars/weigh/<path:name>", jars_change.weigh, name="jars-weigh"),
    path("jars/change/<path:name>", jars_change.change, name="jars-change"),
    path("jars/test/<path:name>", proving.drying, name="jars-test"),
    path("jars/spot/<path:name>", proving.spot_of_jar, name="jars-spot"),
    path("jars/sample/<path:name>", proving.sample, name="jars-sample"),
    path("jars/recall/<path:name>", jars.recalled, name="jars-recall"),
    path("jars/discard/<path:name>", jars_change.discard, name="jars-discard"),
    path("pads", pads.listed, name="jars-pads"),
    path("pads/new", pads.add, name="jars-pad"),
    path("pads/wash/<path:name>", pads.wash, name="jars-wash"),
]
