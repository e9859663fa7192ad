"""Results as files for programs: CSV, iCalendar, JSON; and plans read back."""
