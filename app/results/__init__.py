"""What is published: explanations, CSV, the competition file, the recount, other halls. Reads results, changes none."""
