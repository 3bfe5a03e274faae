"""The tracker on the shop's network: who gets in, under which name, and what may they do?

Read in this order: `roles` (look, log, manage), `role_permit` (what may be written), `device_list`
(paired devices and pairing codes, in a file of its own), `visitors` (whose computer is that?),
`addresses` (where the shop's network reaches this computer), `pairing` (the page a new device
sees), `sign_in` (who comes in by an account), `compressed` (scripts on their way to a phone),
`door` (nothing of the app is answered before it was passed).

The devices stand in no workshop's database: a backup that is brought back must not let a device
in again that was removed meanwhile, and whoever is given a copy of the records gets no list of
devices with it.
"""
