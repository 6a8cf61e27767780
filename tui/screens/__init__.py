"""The screens. One .tcss stands beside each."""
