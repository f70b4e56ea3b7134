"""The calendar feed: what the studio does when, for the calendars of phones."""
