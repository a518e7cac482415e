"""What those who keep the service running need: request ids, logs, health, metrics, backups."""
