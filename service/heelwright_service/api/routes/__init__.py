"""The paths, one module a resource; the application registers those listed here."""

from heelwright_service.api.routes import feed, tokens, vessels

BLUEPRINTS = (vessels.blueprint, feed.blueprint, tokens.blueprint)
