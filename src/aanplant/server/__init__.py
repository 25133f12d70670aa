"""The desk page's server: the estate over HTTP, on this machine alone."""

from aanplant.server.app import create_app

__all__ = ["create_app"]
