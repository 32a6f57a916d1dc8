"""The pages of app/watch: parse, call, render. The only modules of the room that know HTTP."""
