"""Endpoints, one module a resource."""
