"""The pages of app/floor: parse, call, render. The only modules of the room that know HTTP."""
