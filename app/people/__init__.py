"""Who competes and who judges: entries, import, check-in, judges, openers. Never touches a heat or a mark.

- A list of entries travels in its page, as text in the form: nothing waits in the server between looking and storing, a
  restart loses nothing, and a slip is mended in place. An entry is known again by the list's id or start number, else by
  division and name; an athlete by name within the entry, so that a substitute is never a new spelling of somebody else.
- An import's way back keeps each record before and after it, and leaves alone what somebody changed since. Entries that a
  newer list does not name are named, and a person deletes them: deleting them by the list, even with a tick, was decided
  against.
- A row that is left out is named by what it says, so that no other row is left out in its place when the text is mended.
- Sex and age decide no result unless points are made of them (a formula of bodyweight in the overall rule): else they are
  withheld from every public file.
- Check-in stays out of the competition file: who is here, waivers and heights decide no result and are nobody else's
  business; a backup has them. Reaches and markings are in it: a laptop that takes over must know where the lines are.
- A card at the door stores changed fields only, each against the value it was opened with: two volunteers overwrite nothing
  unasked.
- Openers follow their lifter when members change places.
- An entry's picture is in no roster, so no file, digest, recount or tablet can have it. It is kept without what a camera writes
  beside it, goes when its entry or a member of it goes, and is overwritten in the store. A name that is typed over is a new
  spelling: the picture stays. Scaling is the browser's work: an image library here was decided against.
"""
