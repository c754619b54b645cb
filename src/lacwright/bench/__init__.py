"""The pages of the shop: served on this machine, for this machine.

`serve.serve(home)` starts them. Views parse, call and render; what they show comes from the model
and from `lacwright.shop`.
"""
