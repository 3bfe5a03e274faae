"""The app served: `app` opens it, `told` says how it is shared, `devices` who is let in."""
