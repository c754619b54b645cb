"""Work goes on in spite of a stop of the air: stop and reason are kept in the log of the job."""

from __future__ import annotations

from collections.abc import Iterable

from lacwright.figures import Refusal
from lacwright.shop import names
from lacwright.shop.models import Job
from lacwright.shop.services import work as told
from lacwright.shop.services.events import note
from lacwright.shop.services.jobs import is_class
from lacwright.shop.writing import Answer, Entry


def go_on(*, job: str, stops: Iterable[str], in_spite: str, entry: Entry) -> Answer:
    """Write down that a job goes on in spite of stops of the air.

    Parameters
    ----------
    job : str
        The job.
    stops : iterable of str
        What was told, each as a sentence.
    in_spite : str
        Why it goes on.
    entry : Entry
        Who and when.

    Raises
    ------
    Refusal
        Without a stop or a reason, for an unknown job, or for the job of a class.
    """
    texts, reason = tuple(stops), told.text_of(in_spite, "--in-spite")
    if not texts:
        raise Refusal("stops", "there is none", "estimate the air first")
    if not reason:
        raise Refusal("--in-spite", "no reason is given", "say why it goes on all the same")
    if is_class(names.find(Job, job, "--job").plan):
        raise Refusal("--job", "it is the job of a class: students cannot answer for a stop",
                      "change the work or the room until none is left")  # fmt: skip
    lines = "\n".join(f"STOP of the air: {text}" for text in texts)
    return note(job=job, text=f"{lines}\nGoes on in spite of it: {reason}", entry=entry)
