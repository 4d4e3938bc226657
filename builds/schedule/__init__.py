"""Arithmetic of dates: working calendars, one network of activities, and what sets each date.

The core is pure: it knows no Django, reads no clock, no file and no setting, and never
changes what it is given. All times are whole minutes of local wall-clock time counted from
``builds.schedule.calendar.EPOCH``.
"""
