"""Who stands where and when: start lists, the plan of the day, cuts, timetables. Makes heats, never runs one.

- A draft is no heat. Publishing writes many heats in one commit and keeps the ids of lane assignments, so that what is stored
  about them stays; what was there before is kept for taking back.
- Looked at first, then made: a late change and a cut show their moves as sentences before anything is saved.
"""
