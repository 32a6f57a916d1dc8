"""What must outlive the laptop: backups, tablets' files, the record of what was done. Copies, never changes."""
