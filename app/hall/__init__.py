"""What every job needs and no job owns: the wired hall, forms, changing and telling, who is here. Knows no job and no page."""
