"""Files by their digest: what is too large for a table and never changes, such as a gym's hand-in. No table knows where one lies.

- The verbs are those of an object store: put, get, has, size, digests, delete what nothing names (verbs.py). Whoever puts a file
  has it kept before anything says so: the row that names it (its head, heads.py) is written afterwards, in the transaction of
  what it is for, which looks once more whether it is there. A kill in between leaves a file that nothing names, and loses none.
- In a data folder they lie beside the store, in two levels of folders by the first digits (folder.py): written whole, synced and
  moved into their place, and read only if they are what their name says. Every process syncs the name of each folder once, for
  whoever made it may have been killed before: a power cut then took the folder with a file that was told to be kept. A backup
  copies what its place has not yet; in the database every backup held each of them, 15 GB for 5,000 gyms.
- On a database server they are rows of the database (in_database.py). Two computers share that and no folder, and nobody can
  prove of a folder that it is the same one on both: a receipt would say that a file came which the other can't read. A folder
  that is given by name, or an object store, would stand behind the same verbs; neither is built.
- What older versions kept in an SQLite store is moved out at its opening, a slice at a time (moving.py): the file first, then its
  row goes, so that a kill at any moment leaves it in one of the two, or in both. What is not what its digest says stays a row.
- Nothing that a row names is ever deleted. What nothing names goes when it is an hour old, in the writer's turn: either the row
  was there before, and the file stays, or whoever writes the row finds no file and says so.
"""
