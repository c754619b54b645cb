"""A job begins, is described anew, ends."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from lacwright.bench import ask
from lacwright.bench.forms.jobs import Close, Describe, Start
from lacwright.shop import names
from lacwright.shop.models import Job
from lacwright.shop.services import jobs
from lacwright.shop.writing import Answer, Entry


def start(request: HttpRequest) -> HttpResponse:
    """Ask for a job without a plan."""

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return jobs.start_job(
            job=told["job"], piece_name=told["piece"], title=told["title"],
            customer=told["customer"] or None, promised=told["promised"],
            in_spite=told["in_spite"], entry=entry,
        )  # fmt: skip

    return ask.asked(
        request, form=Start, do=do,
        on=lambda a: reverse("jobs-one", args=[a.data["job"]]), words=started,
        template="jobs/start.html",
        context={"title": "Which work begins?", "press": "Start the job without a plan",
                 "back": reverse("jobs")},
    )  # fmt: skip


def describe(request: HttpRequest, name: str) -> HttpResponse:
    """Ask for title, promised day and note of a job."""
    job = names.find(Job, name, "job")
    now = {"title": job.title, "promised": job.promised, "note": job.note}

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        changes = {k: told[k] for k, was in now.items() if told[k] != was}
        return jobs.describe_job(job=job.key, changes=changes, entry=entry)

    return ask.asked(
        request, form=Describe, do=do,
        on=reverse("jobs-one", args=[job.key]), words="Changed.", initial=now,
        template="jobs/ask.html",
        context={"title": f"What is job {job.key} about?", "job": job, "press": "Keep",
                 "back": reverse("jobs-one", args=[job.key])},
    )  # fmt: skip


def close(request: HttpRequest, name: str) -> HttpResponse:
    """Ask whether a job is to be closed."""
    job = names.find(Job, name, "job")

    def do(told: dict[str, Any], entry: Entry) -> Answer:
        return jobs.close_job(job=job.key, delivered=told["delivered"], text=told["text"],
                              entry=entry)  # fmt: skip

    return ask.asked(
        request, form=Close, do=do,
        on=reverse("jobs-one", args=[job.key]), words=f"Job {job.key} is closed.",
        template="jobs/ask.html",
        context={"title": f"Is job {job.key} done?", "job": job, "press": "Close the job",
                 "lead": "It then no longer stands among the open ones. Nothing of it is lost, and "
                 "it can be opened again by undoing this.",
                 "back": reverse("jobs-one", args=[job.key])},
    )  # fmt: skip


def started(answer: Answer) -> str:
    """Return what was begun."""
    data = answer.data
    planned = f": {data['planned_coats']} coats planned" if data["planned"] else ", without a plan"
    new = f" {data['piece']} is in the record now." if data["new_piece"] else ""
    return f"Job {data['job']} on {data['piece']} begins{planned}.{new}"
