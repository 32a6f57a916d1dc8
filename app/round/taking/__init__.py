"""What gyms send is taken in: at headquarters' doors, read no further than it was promised, and checked by another process."""
