"""From a written workout to an event with its markings, plates and brief. Never touches a heat or a mark.

- A form is texts, exactly as they stand on the screen; reading it is one step, and the rule book has the last word.
- A wall line is stored exactly; only its words are to the nearest eighth of an inch or millimetre.
- How a wall line is measured is a protocol of our own, common practice, no source. Its measures are the event's, its steps are
  told once (rules/records/measuring.py) for brief, check-in and lane. The picture beside them is not to scale.
- Briefs are kept by tablets network first (2.5 s, then the kept one), in the cache of the version whose styles they ask for.
  Printed pages are tested as PDF: Chromium prints them, pypdf reads them back, and nothing may stick out of A4.
"""
