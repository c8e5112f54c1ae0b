"""Clock minutes of the timetable in words: a date where the job has one, else the day's number."""

from __future__ import annotations

from datetime import datetime, timedelta

DAY_MIN = 1440


def moment(minute: float, start: str) -> datetime | None:
    """Return the calendar moment of a clock minute, or None for a job without a start date.

    Args:
        minute: Minutes from midnight before the first working day, 0 or more.
        start: The job's start as ``2026-05-04 08:00``, or an empty text.
    """
    if not start:
        return None
    midnight = datetime.fromisoformat(start).replace(hour=0, minute=0)
    return midnight + timedelta(minutes=round(minute))


def clock(minute: float, start: str = "") -> str:
    """Return a clock minute as it is printed.

    Examples:
        >>> clock(1440 + 510)
        'day 2 08:30'
        >>> clock(510, "2026-05-04 08:00")
        'Mon 4 May 08:30'
    """
    date = moment(minute, start)
    whole = round(minute)
    if date is None:
        return f"day {whole // DAY_MIN + 1} {whole % DAY_MIN // 60:02d}:{whole % 60:02d}"
    return f"{DAYS[date.weekday()]} {date.day} {MONTHS[date.month - 1]} {date:%H:%M}"


# Not strftime's names: those change with the machine's locale.
DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
