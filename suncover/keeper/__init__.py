"""The program that acts on the plan: what should be, what is, and an order for the difference.

    Site, dates ──> Agenda         make_agenda: the days ahead as the keeper needs them, no more
    Agenda, now, State, news       step: the one decision, pure; everything below only feeds it
         └─> orders, State         target (what should be), reports (what is known), limits (when)
    rehearse                       the step over days, with motors that obey
    loop                           the step in real time: clock, wire, programs, store, files, page

The door is `step.step`. It has no clock, no file and no wire; the rehearsal, the tests and the
program that runs for years all make the same decisions with it.
"""
