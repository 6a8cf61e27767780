"""How stash files of earlier versions become present ones. See `stash.inventory.migrate`."""
