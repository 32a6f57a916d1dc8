"""The tables, as SQLModel classes. Nothing here reads or writes; only app/store imports it."""
