"""Jobs: the plan they were started with, how far they have come, what comes next and when."""

import datetime as dt
from decimal import Decimal

import pytest

from lacwright.figures import Refusal
from lacwright.files.piece import piece_of
from lacwright.files.toml import load_toml
from lacwright.plan import make_plan

STOOL = """\
title = "A stool"
[wish]
use = ["indoors"]
start = 2027-03-01
[shop]
ignition = []
children = false
[[part]]
name = "seat"
shape = "panel"
wood = "beech"
size = "400x300x20 mm"
[[part]]
name = "legs"
shape = "area"
wood = "beech"
area = "0.2 m2"
[[mix]]
name = "body"
cut = 2
grade = "garnet"
[[step]]
what = "seal"
method = "brush"
wait = "1 h"
[[step]]
what = "scuff"
[[step]]
what = "coat"
method = "brush"
times = 3
wait = "2 h"
rest = "5 days"
[[step]]
what = "rub"
parts = ["seat"]
"""


def started(bench, tmp_path, text=STOOL, **more):
    """Start job S-1 on a stool with its plan; return the answer."""
    from lacwright.shop.plan_link import areas_of, kept
    from lacwright.shop.services.jobs import start_job

    path = tmp_path / "stool.toml"
    path.write_text(text, encoding="utf-8")
    made = make_plan(piece_of(load_toml(path), "stool"), today=dt.date(2027, 3, 1), n=50)
    told = {"job": "S-1", "piece_name": "stool", "piece_file": text, "plan": kept(made, []),
            "areas_m2": areas_of(made.piece), "entry": bench.at(1, 8), **more}  # fmt: skip
    return start_job(**told)


@pytest.fixture
def stool(bench, tmp_path):
    """Return a bench with a job on a stool and a jar of its mix."""
    bench.shelf()
    bench.mix("J1", 1, 120, 500, entry=bench.at(1, 9))
    started(bench, tmp_path)
    return bench


def lay(bench, day, hour=12.0, **more):
    from lacwright.shop.services.coats import lay_coat

    return lay_coat(**{"job": "S-1", "jar": "J1", "entry": bench.at(day, hour), **more}).data


def shown(name="S-1"):
    from lacwright.shop.models import Job
    from lacwright.shop.queries.jobs import show

    return show(Job.objects.get(key=name), dt.UTC)


def told(name="S-1"):
    return shown(name).as_json(dt.UTC)


def of_part(part):
    return next(p for p in told()["progress"] if p["part"] == part)


def test_the_plan_is_kept_with_the_job(stool):
    from lacwright.shop.models import Job, Piece

    job = Job.objects.get(key="S-1")
    assert job.plan["schema"] == "lacwright.plan/1"
    assert job.plan["planned_coats"] == 4
    whats = [step["what"] for step in job.plan["steps"]]
    assert whats == ["seal", "scuff", "coat", "coat", "coat", "rub"]
    # Both faces and all edges of the seat: 2 (.4 x .3 + .4 x .02 + .3 x .02), and the legs.
    assert job.plan["figures"]["area.total"]["value"] == pytest.approx(0.268 + 0.2)
    assert job.piece_file == STOOL
    assert Piece.objects.get(key="stool").areas_m2 == pytest.approx({"seat": 0.268, "legs": 0.2})


def test_progress_by_part_and_the_earliest_hour(stool):
    assert of_part("seat")["next"] == "Seal coat 1 (body, 2-lb)"
    assert of_part("seat")["earliest"] is None
    first = lay(stool, 1, 10, until_us=stool.us(1, 10.5))
    # What it is and by which method, the plan says.
    assert (first["what"], first["method"]) == ("seal", "brush")
    seat = of_part("seat")
    assert (seat["laid"], seat["planned"], seat["left"]) == (1, 4, 3)
    assert seat["next"] == "Scuff lightly and wipe off the dust"
    assert seat["earliest"] == "2027-03-01T11:30:00+00:00"  # 1 h after its end
    from lacwright.shop.services.events import abrade

    abrade(job="S-1", what="scuff", abrasive="P400", entry=stool.at(1, 12))
    assert of_part("legs")["next"] == "Coat 1 (body, 2-lb)"
    assert of_part("legs")["earliest"] == "2027-03-01T12:00:00+00:00"  # scuffing needs no wait
    lay(stool, 1, 13)
    lay(stool, 1, 15, parts=["seat"])
    assert (of_part("seat")["left"], of_part("legs")["left"]) == (1, 2)
    assert of_part("seat")["earliest"] == "2027-03-01T17:00:00+00:00"
    lay(stool, 1, 17, parts=["seat"])
    # The last coat rests 5 days: the rub falls on the fifth day after it.
    assert of_part("seat")["next"].startswith("Rub out")
    assert of_part("seat")["earliest"] == "2027-03-06T00:00:00+00:00"
    says = lay(stool, 1, 20, parts=["seat"])["says"]
    assert any("no more coats for seat" in text for text in says)


def test_what_was_passed_over_is_said(stool):
    lay(stool, 1, 10)
    lay(stool, 1, 12)  # without the scuff
    assert of_part("seat")["skipped"] == ["Scuff lightly and wipe off the dust"]


def test_stripping_begins_the_course_again(stool):
    from lacwright.shop.services.events import strip

    lay(stool, 1, 10)
    lay(stool, 1, 12)
    strip(job="S-1", parts=["seat"], entry=stool.at(2))
    assert (of_part("seat")["laid"], of_part("seat")["left"]) == (0, 4)
    assert of_part("legs")["laid"] == 2


def test_a_coat_that_differs_from_the_plan_is_written_and_remarked(stool):
    stool.flakes("amber", grade="amber")
    stool.mix("thin", 1, 30, 500, flakes="amber")
    says = " ".join(lay(stool, 1, 14, jar="thin", method="pad", what="coat")["says"])
    assert "Jar 'thin' holds a 0.5-lb cut, weaker than the 2-lb of the plan." in says
    assert "holds amber; planned is garnet" in says
    assert "laid by pad; the plan says brush" in says
    early = " ".join(lay(stool, 1, 15)["says"])
    assert "by the plan the next is due at 2027-03-01 16:00" in early
    with pytest.raises(Refusal, match="jar 'thin' was mixed only at 2027-03-01 12:00"):
        lay(stool, 1, 11, jar="thin")


def test_a_plan_with_a_stop_begins_only_with_a_reason(bench, tmp_path):
    from lacwright.shop.models import Job

    text = STOOL.replace("ignition = []", 'ignition = ["wood stove"]')
    with pytest.raises(Refusal, match="wood stove") as refusal:
        started(bench, tmp_path, text)
    assert refusal.value.where == "--in-spite"
    assert "say why with --in-spite" in refusal.value.mend
    assert ".;" not in str(refusal.value)
    assert "PIECE.toml" not in str(refusal.value)
    assert not Job.objects.exists()
    started(bench, tmp_path, text, in_spite="it is cold until May")
    kept = told()
    assert "wood stove" in kept["stops_at_start"][0]
    assert kept["in_spite"] == "it is cold until May"


def test_a_job_without_a_plan_on_a_piece_that_is_there(bench):
    from lacwright.shop.models import Movement
    from lacwright.shop.services.jobs import start_job
    from lacwright.shop.services.people import add_customer
    from lacwright.shop.services.pieces import add_piece

    bench.shelf()
    bench.mix("J1", 1, 120, 500)
    add_customer(name="Ida", entry=bench.at(1))
    add_piece(name="box", customer="Ida", areas_m2={"lid": 0.1}, entry=bench.at(1))
    made = start_job(job="B-1", piece_name="box", areas_m2={"lid": 9.0, "body": 0.4},
                     promised=dt.date(2027, 4, 1), entry=bench.at(1))  # fmt: skip
    assert not made.data["new_piece"]
    # What the piece has is left as it is; what it has not is added, and that is on record.
    from lacwright.shop.models import Piece

    assert Piece.objects.get(key="box").areas_m2 == {"lid": 0.1, "body": 0.4}
    assert Movement.objects.filter(kind="describe").count() == 1
    lay(bench, 2, 10, job="B-1", method="pad")
    line = told("B-1")
    assert (line["customer"], line["promised"]) == ("Ida", "2027-04-01")
    assert [p["laid"] for p in line["progress"]] == [1, 1]
    # A padded coat waits 45 min (common practice).
    assert line["progress"][0]["earliest"] == "2027-03-02T10:45:00+00:00"
    with pytest.raises(Refusal, match="Ida's"):
        start_job(job="B-2", piece_name="box", customer="Otto", entry=bench.at(2))


def test_a_second_open_job_on_a_piece_is_remarked_not_refused(bench):
    """Two courses may run, on the top and on the back."""
    from lacwright.shop.services.jobs import close_job, start_job

    first = start_job(job="B-1", piece_name="box", entry=bench.at(1))
    assert first.data["says"] == []
    second = start_job(job="B-2", piece_name="box", entry=bench.at(2))
    assert second.data["says"] == ["Job 'B-1' is open on this piece too: say with every coat which "
                                   "job it is for, and close 'B-1' if it is over."]  # fmt: skip
    close_job(job="B-1", entry=bench.at(3))
    says = start_job(job="B-3", piece_name="box", entry=bench.at(4)).data["says"]
    assert [text.partition(" is open")[0] for text in says] == ["Job 'B-2'"]


def test_a_promise_before_the_start_is_remarked(bench):
    """A job may be begun late: the day that was promised is over by then."""
    from lacwright.shop.services.jobs import describe_job, start_job

    (told,) = start_job(job="B-1", piece_name="box", promised=dt.date(2027, 3, 4),
                        entry=bench.at(5)).data["says"]  # fmt: skip
    assert told.startswith("The promised day, 2027-03-04, is before the job was begun, on 2027-03-")
    for day, count in ((dt.date(2027, 3, 5), 0), (dt.date(2026, 4, 1), 1), (None, 0)):
        done = describe_job(job="B-1", changes={"promised": day}, entry=bench.at(6))
        assert len(done.data["says"]) == count


def test_a_coat_before_its_job_is_remarked(stool):
    from lacwright.shop.services.amend import amend

    stool.mix("old", 1, 120, 500, entry=stool.at(1, 6))
    says = lay(stool, 1, 7, jar="old")["says"]
    assert ("It is dated 2027-03-01 07:00, before job 'S-1' was begun at 2027-03-01 08:00: check "
            "both times.") in says  # fmt: skip
    later = lay(stool, 1, 12, jar="old")
    assert not any("was begun" in text for text in later["says"])
    from lacwright.shop.models import Movement

    number = Movement.objects.filter(kind="coat").latest("id").id
    done = amend(movement=number, changes={}, at_us=stool.us(1, 7.5), entry=stool.at(2))
    assert any("was begun at 2027-03-01 08:00" in text for text in done.data["says"])


def test_after_the_last_step_nothing_is_due(stool):
    for hour in (10, 12, 14, 16):
        lay(stool, 1, hour, parts=["legs"])
    legs = of_part("legs")
    assert (legs["left"], legs["next"], legs["earliest"]) == (0, None, None)
    assert legs["missing"]["earliest"] == "the plan has no more steps"


def test_a_job_is_taken_back_while_nothing_hangs_on_it(stool):
    from lacwright.shop.models import Movement
    from lacwright.shop.queries.jobs import job_lines
    from lacwright.shop.services.amend import undo

    start = Movement.objects.get(kind="start")
    coat = lay(stool, 2)
    assert coat["job"] == "S-1"
    with pytest.raises(Refusal, match="is used since"):
        undo(movement=start.id, entry=stool.at(3))
    undo(movement=Movement.objects.get(kind="coat").id, entry=stool.at(3))
    undo(movement=start.id, entry=stool.at(3))
    assert job_lines() == []
    with pytest.raises(Refusal, match="was taken back"):
        lay(stool, 4)


def test_closing_and_what_comes_after(stool):
    from lacwright.shop.queries.jobs import job_lines
    from lacwright.shop.services.jobs import close_job

    close_job(job="S-1", delivered=dt.date(2027, 3, 20), entry=stool.at(20))
    assert told()["state"] == "closed"
    assert told()["delivered"] == "2027-03-20"
    assert job_lines() == []
    assert [row["job"] for row in job_lines(state="closed")] == ["S-1"]
    with pytest.raises(Refusal, match="closed already"):
        close_job(job="S-1", entry=stool.at(21))
    assert any("was closed on 2027-03-20" in text for text in lay(stool, 22)["says"])


def test_spots_faults_notes_and_agreements_stand_with_the_job(stool):
    from lacwright.shop.models import Movement
    from lacwright.shop.services.agreements import agree
    from lacwright.shop.services.events import fault, note, spot, spot_done
    from lacwright.shop.services.pieces import add_piece

    spot(job="S-1", parts=["seat"], where="front edge", text="rub through", entry=stool.at(2))
    number = Movement.objects.get(kind="spot").id
    fault(job="S-1", jar="J1", what="haze", parts=["seat"], cause="rain", entry=stool.at(2))
    note(job="S-1", text="it stood in the sun", entry=stool.at(2))
    add_piece(name="step panel", kind="panel", entry=stool.at(1))
    agree(job="S-1", what="panel", panel="step panel", entry=stool.at(2))
    agree(job="S-1", what="change", text="darker by one coat", price=Decimal("35.50"),
          entry=stool.at(3))  # fmt: skip
    line = told()
    assert [(s["where"], s["movement"]) for s in line["spots"]] == [("front edge", number)]
    assert (line["faults"][0]["what"], line["faults"][0]["jar"]) == ("haze", "J1")
    assert [a["panel"] for a in line["agreements"]] == ["step panel", None]
    assert line["agreements"][1]["price"] == "35.50"
    spot_done(spot=number, entry=stool.at(4))
    assert told()["spots"] == []
    with pytest.raises(Refusal, match="is done already"):
        spot_done(spot=number, entry=stool.at(5))
    with pytest.raises(Refusal, match="is no spot"):
        spot_done(spot=number + 1, entry=stool.at(5))


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"what": "panel"}, "no panel is named"), ({"what": "price"}, "no price is said"),
        ({"what": "change"}, "nothing is said"), ({"what": "wish"}, "no kind of agreement"),
        ({"what": "price", "price": Decimal("-1")}, "is not a price"),
        ({"what": "price", "price": Decimal("NaN")}, "is not a price"),
        ({"what": "panel", "panel": "stool"}, "is a piece, not a panel"),
    ],
)  # fmt: skip
def test_agreements_that_say_nothing_are_refused(stool, more, words):
    from lacwright.shop.services.agreements import agree

    with pytest.raises(Refusal, match=words):
        agree(job="S-1", **more, entry=stool.at(2))


def test_events_are_corrected_and_taken_back(stool):
    from lacwright.shop.services.amend import amend, undo
    from lacwright.shop.services.events import abrade, fault

    made = abrade(job="S-1", what="scuff", parts=["seat"], entry=stool.at(2))
    amend(movement=made.movement, changes={"what": "level", "abrasive": "P600"}, entry=stool.at(3))
    event = shown().of_kind("abrade")[0]
    assert event.movement.body["abrasive"] == "FEPA P600"
    with pytest.raises(Refusal, match="may be several grains"):
        amend(movement=made.movement, changes={"abrasive": "400"}, entry=stool.at(3))
    undo(movement=made.movement, entry=stool.at(4))
    assert shown().of_kind("abrade") == []
    with pytest.raises(Refusal, match="a part of what"):
        fault(jar="J1", what="haze", parts=["seat"], entry=stool.at(2))


def test_every_null_has_its_reason(stool):
    lay(stool, 1, 10)

    def check(value):
        if isinstance(value, dict):
            missing = value.get("missing", {})
            assert {k for k, v in value.items() if v is None} == set(missing)
            for inner in value.values():
                check(inner)
        elif isinstance(value, list):
            for inner in value:
                check(inner)

    check(told())


def test_queries_do_not_grow_with_rows(stool, django_queries, tmp_path):
    from lacwright.shop.models import Piece
    from lacwright.shop.queries.jobs import job_lines
    from lacwright.shop.queries.pieces import history, piece_lines

    def asked():
        stands = Piece.objects.get(key="stool")
        with django_queries() as found:
            job_lines()
            piece_lines()
            history(stands)
            shown()
        return len(found)

    lay(stool, 1, 10)
    few = asked()
    for n in range(2, 6):
        started(stool, tmp_path, job=f"S-{n}", piece_name=f"stool {n}")
        lay(stool, n, 10)
        lay(stool, n, 14)
    assert asked() <= few


@pytest.mark.parametrize(
    ("day", "words"),
    [(dt.date(2026, 1, 1), "before the job was begun"), (dt.date(2099, 1, 1), "still to come")],
)
def test_a_hand_over_lies_between_the_start_and_today(stool, day, words):
    from lacwright.shop.services.jobs import close_job

    with pytest.raises(Refusal, match=words):
        close_job(job="S-1", delivered=day, entry=stool.at(20))
    assert told()["state"] != "closed"
