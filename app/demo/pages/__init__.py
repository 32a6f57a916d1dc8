"""The pages of app/demo: parse, call, render. The only modules of the room that know HTTP."""
