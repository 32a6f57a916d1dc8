"""Listening: ports, limits on connections, and several processes behind one address. Nothing here knows what a competition is."""
