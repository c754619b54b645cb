"""Addresses of: jobs."""

from __future__ import annotations

from django.urls import URLPattern, path

from lacwright.bench.views import job_notes, job_start, job_work, jobs, wet

urlpatterns: list[URLPattern] = [
    path("jobs", jobs.jobs, name="jobs"),
    path("jobs/start", job_start.start, name="jobs-start"),
    path("jobs/one/<name:name>", jobs.one, name="jobs-one"),
    path("jobs/planned/<name:name>", jobs.planned, name="jobs-planned"),
    path("jobs/film/<name:name>", jobs.film, name="jobs-film"),
    path("jobs/wet/<name:name>", wet.of_job, name="jobs-wet"),
    path("jobs/wet-drawn/<int:number>/<name:name>", wet.drawn_of_job, name="jobs-wet-drawn"),
    path("jobs/coat/<name:name>", job_work.coat, name="jobs-coat"),
    path("jobs/sand/<name:name>", job_work.sand, name="jobs-sand"),
    path("jobs/strip/<name:name>", job_work.strip, name="jobs-strip"),
    path("jobs/fault/<name:name>", job_notes.fault, name="jobs-fault"),
    path("jobs/spot/<name:name>", job_notes.spot, name="jobs-spot"),
    path("jobs/spot-done/<int:number>", job_notes.spot_done, name="jobs-spot-done"),
    path("jobs/note/<name:name>", job_notes.note, name="jobs-note"),
    path("jobs/attach/<name:name>", job_notes.attach, name="jobs-attach"),
    path("jobs/agree/<name:name>", job_notes.agree, name="jobs-agree"),
    path("jobs/describe/<name:name>", job_start.describe, name="jobs-describe"),
    path("jobs/close/<name:name>", job_start.close, name="jobs-close"),
]
