"""The day as numbers: heats, lateness, whether a plan holds, calendars. Touches records; knows no score.

- A plan is checked by something else: plan_check.py shares no function with the solver and has the last word. Tests break
  plans in two dozen ways, and each is caught.
- Arithmetic comes before any search and says only what is proven: a search for 12 judges on 10 lanes with a heat of rest in
  four would time out; ceil(10 * 4 / 3) = 14 is said at once.
"""
