"""Who stands where and when: start lists, the plan of the day, cuts, timetables. Makes heats, never runs one."""
