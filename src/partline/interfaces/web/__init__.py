"""The web app, served from this machine to this machine."""

from partline.interfaces.web.app import create_app

__all__ = ["create_app"]
