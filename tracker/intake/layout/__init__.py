"""What a sheet of any form says, brought into long rows of the contract. Read in this order:

`words` (what people write, in five languages), `known` (what the workshop's records help with),
`meaning` (a heading or cell: part, task, day, mark), `titles` (month, printer in a title), `blocks`
(the tables in a sheet and what is set aside), `facts` (what stands in each column), `asking` (what
a piece asks), `made` (records made of cells), then the layouts `calendar`, `numbers_across`,
`wide`, `lists/`, `choose` (which of them a block is) and `changes` (days of change to
parts from day to day).
"""
