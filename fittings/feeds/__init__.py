"""Calendars of fitters and rooms, for the calendar programs of the house's people."""
