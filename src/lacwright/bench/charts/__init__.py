"""Pictures of a plan or a log as SVG of their own address, each with its text beside it."""
