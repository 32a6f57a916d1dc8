"""The pages of app/compose: parse, call, render. The only modules of the room that know HTTP."""
