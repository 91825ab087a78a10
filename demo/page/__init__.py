"""A local chat page: go on as any of the people, in private or in the group, and move the clock.

The server side makes the page's HTML, so that it is here, in one place, that names and texts are
made harmless; the script in the browser puts the pieces in place and passes on what is done.
"""

from .routes import ChatPage

__all__ = ["ChatPage"]
