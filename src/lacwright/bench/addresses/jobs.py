"""Addresses of: jobs."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import job_notes, job_start, job_work, jobs

urlpatterns: list[URLPattern] = [
    path("jobs", jobs.jobs, name="jobs"),
    path("jobs/start", job_start.start, name="jobs-start"),
    path("jobs/one/<path:name>", jobs.one, name="jobs-one"),
    path("jobs/planned/<path:name>", jobs.planned, name="jobs-planned"),
    path("jobs/film/<path:name>", jobs.film, name="jobs-film"),
    path("jobs/coat/<path:name>", job_work.coat, name="jobs-coat"),
    path("jobs/sand/<path:name>", job_work.sand, name="jobs-sand"),
    path("jobs/strip/<path:name>", job_work.strip, name="jobs-strip"),
    path("jobs/fault/<path:name>", job_notes.fault, name="jobs-fault"),
    path("jobs/spot/<path:name>", job_notes.spot, name="jobs-spot"),
    path("jobs/spot-done/<int:number>", job_notes.spot_done, name="jobs-spot-done"),
    path("jobs/note/<path:name>", job_notes.note, name="jobs-note"),
    path("jobs/attach/<path:name>", job_notes.attach, name="jobs-attach"),
    path("jobs/agree/<path:name>", job_notes.agree, name="jobs-agree"),
    path("jobs/describe/<path:name>", job_start.describe, name="jobs-describe"),
    path("jobs/close/<path:name>", job_start.close, name="jobs-close"),
]
