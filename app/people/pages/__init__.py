"""The pages of app/people: parse, call, render. The only modules of the room that know HTTP."""
