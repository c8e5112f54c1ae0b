"""From answers to a proved plan: decide, select, order, timetable, prove, review."""
