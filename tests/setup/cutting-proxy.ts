/**
 * A proxy in front of Postgres that cuts connections when it hurts most: when a batch of submissions was sent and its
 * answer has not come back. It reads the wire only far enough to see which batch is meant; without TLS.
 */
import { connect, createServer, type Socket } from 'node:net'

/**
 * `answer`: the server did the work, and the connection breaks as its answer comes: the commit took place.
 * `request`: the connection breaks when the server has the whole message: it commits, or it doesn't, or later.
 */
export type Cut = 'answer' | 'request'

export interface CuttingProxy {
  readonly port: number
  /** Cuts so far. */
  readonly cuts: number
  /** Cuts the next batch that is sent, once for each call; `thenBlock` shuts the way at that very moment. */
  cutNext(cut: Cut, thenBlock?: boolean): void
  /** While blocked, connections are refused and those there are broken. */
  block(blocked: boolean): void
  close(): Promise<void>
}

/** Name of the prepared statement that writes a batch, as it stands in the messages Parse and Bind. */
const BATCH = Buffer.from('write_batch\0')
/** The message Sync ends what belongs together. */
const SYNC = Buffer.from([0x53, 0, 0, 0, 4])

export async function startCuttingProxy(target: {
  readonly host: string
  readonly port: number
}): Promise<CuttingProxy> {
  const pairs = new Set<() => void>()
  const next: { cut: Cut; thenBlock: boolean }[] = []
  let blocked = false
  let cuts = 0

  const block = (value: boolean): void => {
    blocked = value
    if (blocked) for (const tear of pairs) tear()
  }

  const server = createServer((client) => {
    if (blocked) {
      client.resetAndDestroy()
      return
    }
    const upstream = connect(target)
    const tear = (): void => {
      pairs.delete(tear)
      for (const socket of [client, upstream]) socket.destroy()
    }
    pairs.add(tear)
    let armed: (typeof next)[number] | undefined
    const watch = new BatchWatch(() => {
      armed = next.shift()
    })
    const cut = (): void => {
      cuts += 1
      if (armed?.thenBlock) block(true)
      tear()
    }
    client.on('data', (chunk: Buffer) => {
      const ended = watch.sees(chunk)
      forward(upstream, client, chunk, () => {
        if (armed?.cut === 'request' && ended) cut()
      })
    })
    upstream.on('data', (chunk: Buffer) => {
      if (armed?.cut === 'answer') cut()
      else forward(client, upstream, chunk)
    })
    for (const socket of [client, upstream]) socket.on('error', tear).on('close', tear)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return {
    port: (server.address() as { port: number }).port,
    get cuts() {
      return cuts
    },
    cutNext: (cut, thenBlock = false) => void next.push({ cut, thenBlock }),
    block,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve())
        for (const tear of pairs) tear()
      }),
  }
}

/** Passes on, and reads no faster than the other side takes. */
function forward(to: Socket, from: Socket, chunk: Buffer, flushed: () => void = () => undefined): void {
  if (to.destroyed) return
  if (!to.write(chunk, flushed)) {
    from.pause()
    to.once('drain', () => from.resume())
  }
}

/** Sees, across the borders of packets, where a batch begins and where its message ends. */
class BatchWatch {
  readonly #begins: () => void
  #tail = Buffer.alloc(0)

  constructor(begins: () => void) {
    this.#begins = begins
  }

  /** Whether the message ends with this chunk. */
  sees(chunk: Buffer): boolean {
    const seen = Buffer.concat([this.#tail, chunk])
    if (seen.includes(BATCH)) this.#begins()
    this.#tail = seen.subarray(-(BATCH.length - 1))
    return chunk.length >= SYNC.length && chunk.subarray(-SYNC.length).equals(SYNC)
  }
}
