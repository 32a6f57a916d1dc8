"""The pages of app/doors: parse, call, render. The only modules of the room that know HTTP."""
