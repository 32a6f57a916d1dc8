"""From a written workout to an event with its markings, plates and brief. Never touches a heat or a mark."""
