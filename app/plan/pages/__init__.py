"""The pages of app/plan: parse, call, render. The only modules of the room that know HTTP."""
