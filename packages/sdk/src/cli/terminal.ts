/** What a command of `liftledger` is. */

/** What a command reads from and writes to. */
export interface Terminal {
  readonly out: (line: string) => void
  readonly error: (line: string) => void
  readonly read: (path: string) => Promise<Uint8Array>
}

/** Takes the arguments behind its name; gives the exit code. */
export type Command = (args: readonly string[], terminal: Terminal) => Promise<number>
