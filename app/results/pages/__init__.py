"""The pages of app/results: parse, call, render. The only modules of the room that know HTTP."""
