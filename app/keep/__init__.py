"""What must outlive the laptop: backups, tablets' files, the activity log. Copies, never changes.

- The program goes with the backups (packing.py): in a hall there is no internet to fetch it. pip fetches the packages for other
  kinds of computer by the names of their files; the lock's markers, which it would ask of this one, are decided in wheels.py. One
  kind of laptop takes 85 MB, all of them 950 MB. From a stick to a served competition took 55 to 83 s on Linux without a network,
  on two busy cores (bench stick); its tablets then sent all their marks again.
- The environment is made where the packed folder was copied to, not on the stick: a stick's files often may not be run, and an
  environment of 10,000 files is slow there.
- Keeping the laptop awake (awake.py) is asked of each system in its own way and believed only when it said yes.
"""
