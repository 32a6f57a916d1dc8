"""What kind of browser says it is asking, in words that somebody at the desk can compare with what they hold in their hands."""

# In this order: many browsers name others too, for old servers' sake.
BROWSERS = (
    *(("edg/", "Edge"), ("opr/", "Opera"), ("samsungbrowser", "Samsung Internet"), ("firefox", "Firefox")),
    *(("fxios", "Firefox"), ("crios", "Chrome"), ("chrome", "Chrome"), ("safari", "Safari")),
)
SYSTEMS = (
    *(("ipad", "an iPad"), ("iphone", "an iPhone"), ("android", "Android"), ("cros", "a Chromebook")),
    *(("windows", "Windows"), ("macintosh", "a Mac"), ("linux", "Linux")),
)
MOST_LOOKED_AT = 400  # characters; what comes after is of no use


def browser_words(user_agent: str) -> str:
    """A user agent in a few words, `Chrome on Android`; empty if it says nothing known. It is a claim, and shown as one."""
    told = user_agent[:MOST_LOOKED_AT].lower()
    browser = next((words for part, words in BROWSERS if part in told), "")
    system = next((words for part, words in SYSTEMS if part in told), "")
    return f"{browser or 'A browser'} on {system}" if system else browser
