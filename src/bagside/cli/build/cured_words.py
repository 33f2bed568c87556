"""What is kept of a cure that was judged, and when it was."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from bagside.cli.cure.judged import JudgedLog
    from bagside.findings import Finding
    from bagside.ledger.bodies import Cured
    from bagside.ledger.things import Build
    from bagside.records.desk import Desk


def by_job(builds: Sequence[Build]) -> list[list[Build]]:
    """Return builds in groups of one job: each job is judged by itself.

    Parameters
    ----------
    builds
        In the oven together.
    """
    groups: dict[str, list[Build]] = {}
    for build in builds:
        groups.setdefault(build.planned.job, []).append(build)
    return list(groups.values())


def cured_body(
    builds: Sequence[Build], judged: JudgedLog, digest: str, called: str, options: Mapping[str, Any], *, post: bool
) -> Cured:
    """Return what is kept of a judged cure.

    Parameters
    ----------
    builds
        Of one job.
    judged
        Its log.
    digest, called
        Of the log.
    options
        How it was to be read.
    post
        Whether it was the post-cure, off mould and bag.
    """
    from bagside.cure.judging import in_words
    from bagside.ledger.bodies import Cured

    state, result = judged.state, judged.result
    return Cured(
        builds=tuple(b.name for b in builds),
        post=post,
        file=digest,
        called=called,
        settled={name: tuple(v) if isinstance(v, list) else v for name, v in options.items() if v},
        seconds=state.end - (state.course.heat_on or 0.0),
        programme=in_words(judged.case.programme),
        verdict=result.verdict.value,
        reasons=tuple(r.finding.what for r in result.reasons),
        cure=min(max(state.cure.low, 0.0), 1.0),
        tg=state.tg.low,
        hottest_part=state.hottest,
        hottest_tool=None if post else state.tool_hottest,
        pressure=None if state.pressed is None else state.pressed.worst,
        bag=() if post else bag_items(builds),
        moulds=() if post else mould_names(builds),
    )


def unlogged(builds: Sequence[Build], *, post: bool, hottest: str) -> Cured:
    """Return what is kept of a cure without a log.

    Parameters
    ----------
    builds
        In the oven.
    post
        Whether it was the post-cure.
    hottest
        As typed; may be empty.

    Raises
    ------
    InputError
        When it cannot be read.
    """
    from bagside.cli.options import quantity
    from bagside.ledger.bodies import Cured
    from bagside.quantity import Quantity

    return Cured(
        builds=tuple(b.name for b in builds),
        post=post,
        hottest_part=quantity(hottest, Quantity.TEMPERATURE, "--hottest") if hottest else None,
        bag=() if post else bag_items(builds),
        moulds=() if post else mould_names(builds),
    )


def bag_items(builds: Sequence[Build]) -> tuple[str, ...]:
    """Return everything in the bags of builds as they were bagged last, each once.

    Parameters
    ----------
    builds
        In the oven.
    """
    return tuple(dict.fromkeys(i for b in builds if b.bagged for i in b.bagged[-1].what.items))


def mould_names(builds: Sequence[Build]) -> tuple[str, ...]:
    """Return the moulds of builds, each once.

    Parameters
    ----------
    builds
        In the oven.
    """
    return tuple(dict.fromkeys(b.mould for b in builds if b.mould))


def refuse_twice(builds: Sequence[Build], log: Path, *, post: bool) -> None:
    """Refuse a log that is kept already as such a cure of one of the builds.

    Parameters
    ----------
    builds
        In the oven.
    log
        The file.
    post
        Whether it was the post-cure.

    Raises
    ------
    InputError
        Saying who kept it, and when.
    """
    import hashlib

    from bagside.cli.build.words import clock
    from bagside.errors import InputError

    digest = hashlib.sha256(log.read_bytes()).hexdigest()
    for build in builds:
        for noted in build.cures:
            if noted.what.file == digest and noted.what.post is post:
                raise InputError.one(
                    "LOG",
                    f'"{log.name}"',
                    f"{noted.who} kept it already as the {'post-cure' if post else 'cure'} of {build.name}, heat on "
                    f"{clock(noted.at)}",
                    f"to judge it anew, correct that first: bagside build correct {noted.event[:8]} --void --why …",
                )


def heat_on_at(
    here: Desk, judged: JudgedLog, builds: Sequence[Build], *, stated: bool
) -> tuple[datetime, list[Finding]]:
    """Return when heat came on, and what should be known of how that is known.

    Parameters
    ----------
    here
        The desk; its time counts when it was stated.
    judged
        The log, with its own clock when it tells one.
    builds
        In the oven.
    stated
        Whether a person said when.

    Raises
    ------
    InputError
        When the log's clock tells a time that cannot be.
    """
    from bagside.cli.build import words
    from bagside.errors import InputError
    from bagside.findings import Severity

    if stated:
        return here.at, []
    state, log = judged.state, judged.log
    heat_on = timedelta(seconds=state.course.heat_on or 0.0)
    born = max(b.born for b in builds)
    if log.started is None:
        at = here.at - timedelta(seconds=state.end) + heat_on
        if at < born:
            raise InputError.one(
                "--at",
                "",
                f"{log.name} is {words.span(state.end)} long and tells no clock time, and the part was begun "
                f"{words.span((here.at - born).total_seconds())} ago",
                "say with --at when heat came on; a part that was begun earlier is begun with --at as well",
            )
        return at, [
            words.seen(
                log.name,
                "the log tells no clock time",
                f"heat is taken to have come on at {words.clock(at)}, as if the log had ended now",
                "say when it came on with --at when that is not so",
                Severity.SEEN,
            )
        ]
    first = log.started if log.started.tzinfo is not None else log.started.astimezone()  # summer time of its own day
    at = first + heat_on
    if not born <= at <= here.at + timedelta(minutes=10):
        what = "before the part was begun" if at < born else "and that is still to come"
        raise InputError.one(
            "--at",
            f"{at:%Y-%m-%d %H:%M}",
            f"by the clock of {log.name} heat came on then, {what}",
            "the logger's clock is wrong, or it is another log: say with --at when heat came on",
        )
    return at, []


def moved_on(builds: Sequence[Build], job: Path, here: Desk) -> list[Finding]:
    """Return that the job is not any more as it was when parts were begun; nothing when it is.

    Parameters
    ----------
    builds
        Of one job.
    job
        Where it lies.
    here
        The desk.
    """
    from bagside.cli.build import words
    from bagside.cli.build.found import listed
    from bagside.ledger.builds.as_planned import revision_of
    from bagside.records.with_stock import opened_job

    now = revision_of(opened_job(job, here.folder / "workshop.toml").inputs)
    older = [b.name for b in builds if b.planned.revision != now]
    if not older:
        return []
    return [
        words.seen(
            listed(older),
            f"the job's files have changed since it was begun: revision {builds[0].planned.revision} then, {now} now",
            "the log is judged by the job as it is now",
            "if the laminate or the cycle is another one, judge it by the old files with --for",
        )
    ]
