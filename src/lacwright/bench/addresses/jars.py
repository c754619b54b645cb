"""Addresses of: jars, pads and brushes."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import blend, jars, jars_change, jars_make, pads, proving

urlpatterns: list[URLPattern] = [
    path("jars", jars.listed, name="jars"),
    path("jars/mix", jars_make.mix, name="jars-mix"),
    path("jars/blend", blend.blend, name="jars-blend"),
    path("jars/fill", jars_make.fill, name="jars-fill"),
    path("jars/one/<name:name>", jars.one, name="jars-one"),
    path("jars/cut/<name:name>", jars_make.correct, name="jars-correct"),
    path("jars/add/<name:name>", jars_make.add, name="jars-add"),
    path("jars/pour/<name:name>", jars_change.pour, name="jars-pour"),
    path("jars/weigh/<name:name>", jars_change.weigh, name="jars-weigh"),
    path("jars/change/<name:name>", jars_change.change, name="jars-change"),
    path("jars/test/<name:name>", proving.drying, name="jars-test"),
    path("jars/spot/<name:name>", proving.spot_of_jar, name="jars-spot"),
    path("jars/sample/<name:name>", proving.sample, name="jars-sample"),
    path("jars/label/<name:name>", jars.label, name="jars-label"),
    path("jars/recall/<name:name>", jars.recalled, name="jars-recall"),
    path("jars/discard/<name:name>", jars_change.discard, name="jars-discard"),
    path("pads", pads.listed, name="jars-pads"),
    path("pads/new", pads.add, name="jars-pad"),
    path("pads/wash/<name:name>", pads.wash, name="jars-wash"),
]
