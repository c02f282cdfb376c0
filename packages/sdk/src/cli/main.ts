/** The command `liftledger`. Exit 0: done and good. 1: done, and something is wrong. 2: not done. */
import { readFile } from 'node:fs/promises'
import { monitorCommand } from './monitor.ts'
import type { Command, Terminal } from './terminal.ts'
import { verifyCommand } from './verify.ts'

const commands: Readonly<Record<string, { readonly run: Command; readonly about: string }>> = {
  monitor: { run: monitorCommand, about: 'see whether a log continues what it was' },
  verify: { run: verifyCommand, about: 'verify a bundle without a network' },
}

const usage = (): string[] => [
  'Usage: liftledger COMMAND …',
  '',
  ...Object.entries(commands).map(([name, { about }]) => `  ${name.padEnd(10)}${about}`),
  '',
  'liftledger COMMAND --help says what a command takes.',
]

const terminal: Terminal = { out: console.log, error: console.error, read: (path) => readFile(path) }

/** Runs a command and gives its exit code. */
export async function main([name, ...args]: readonly string[], io: Terminal = terminal): Promise<number> {
  if (name === undefined || name === '--help' || name === 'help') {
    for (const line of usage()) io.out(line)
    return name === undefined ? 2 : 0
  }
  const command = Object.hasOwn(commands, name) ? commands[name] : undefined
  if (command !== undefined) return command.run(args, io)
  io.error(`There is no command '${name}'.`)
  for (const line of usage()) io.error(line)
  return 2
}
