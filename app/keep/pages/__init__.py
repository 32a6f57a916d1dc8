"""The pages of app/keep: parse, call, render. The only modules of the room that know HTTP."""
