/** The client's journal: a line is on disk when `write` answers; lines that come meanwhile share the next flush. */
import { closeSync, createReadStream, fsync, openSync, write } from 'node:fs'
import { createInterface } from 'node:readline'
import { promisify } from 'node:util'
import type { JournalLine } from './load.ts'

const flush = promisify(fsync)
const append = promisify(write) as (file: number, text: string) => Promise<unknown>

export class Journal {
  readonly #file: number
  #lines: string[] = []
  #next: Promise<void> | undefined
  #last: Promise<void> = Promise.resolve()

  constructor(path: string) {
    this.#file = openSync(path, 'a')
  }

  write(line: JournalLine): Promise<void> {
    this.#lines.push(`${JSON.stringify(line)}\n`)
    this.#next ??= this.#last.then(() => this.#flush())
    return this.#next
  }

  async #flush(): Promise<void> {
    this.#last = this.#next!
    this.#next = undefined
    await append(this.#file, this.#lines.splice(0).join(''))
    await flush(this.#file)
  }

  async close(): Promise<void> {
    await (this.#next ?? this.#last)
    closeSync(this.#file)
  }
}

export async function* journalLines(path: string): AsyncGenerator<JournalLine> {
  for await (const line of createInterface({ input: createReadStream(path) })) yield JSON.parse(line) as JournalLine
}
