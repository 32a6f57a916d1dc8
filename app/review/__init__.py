"""What the head judge decides: flags, rulings, protests, sign-off, compared sheets. Writes rulings, never a mark."""
