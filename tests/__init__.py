"""The tests. A package of its own, because a dependency may bring a package of this name along."""
