"""What the keeper wrote: the setup file's format, its reader and its typed sections."""
