"""Those who only look on, each kind of them as a process of its own: boards that follow, phones that open a page."""
