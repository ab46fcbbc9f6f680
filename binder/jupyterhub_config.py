"""A recipe for a JupyterHub: each user's server starts on a workbook of the user's own.

Add these lines to the hub's own configuration. Potash is installed where the single-user servers
run; authentication, certificates and the spawner are the hub's business.
"""

c = get_config()  # noqa: F821  # the hub puts it there

# `potash host` lays what is missing in the user's home, trusts it, and becomes the server.
c.Spawner.cmd = ["potash", "host", "my-workbook", "--", "jupyterhub-singleuser"]
c.Spawner.default_url = "/lab/tree/my-workbook/start-here.ipynb"

# Measured, see README.md beside this file: server and three heavy chapters need up to 670 MB.
c.Spawner.mem_limit = "1G"

# A kernel whose page was closed goes after half an hour. What was recorded is on the disk.
c.Spawner.args = [
    "--MappingKernelManager.cull_idle_timeout=1800",
    "--MappingKernelManager.cull_interval=300",
]
