"""The pages of app/review: parse, call, render. The only modules of the room that know HTTP."""
