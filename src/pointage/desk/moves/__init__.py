"""What has moved since the bakes in hand were planned, and what is offered then."""
