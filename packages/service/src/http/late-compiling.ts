/**
 * Serialisers and validators are written from their schemas when they are first needed, or in idle turns once the
 * service listens: written before, they were a third of the time until it could answer at all.
 */
import { SerializerSelector } from '@fastify/fast-json-stringify-compiler'
import type { FastifyInstance, FastifyServerOptions } from 'fastify'

type BuildSerializer = NonNullable<
  NonNullable<NonNullable<FastifyServerOptions['schemaController']>['compilersFactory']>['buildSerializer']
>

export class LateCompiling {
  readonly #waiting: (() => unknown)[] = []

  /** Remembers something to be compiled; a second call of `compile` must cost nothing. */
  later(compile: () => unknown): void {
    this.#waiting.push(compile)
  }

  /** For Fastify's `schemaController`: its own serialisers, each written at its first use. */
  readonly buildSerializer: BuildSerializer = (externalSchemas, options) => {
    const write = SerializerSelector()(externalSchemas, options)
    return (route) => {
      let serializer: ReturnType<typeof write> | undefined
      const compile = () => (serializer ??= write(route))
      this.later(compile)
      return (answer) => compile()(answer)
    }
  }

  /** Once the service listens, compiles what waits, one each turn, so that requests come between. */
  register(app: FastifyInstance): void {
    app.addHook('onListen', (done) => {
      this.#continue()
      done()
    })
    app.addHook('onClose', (_app, done) => {
      this.#waiting.length = 0
      done()
    })
  }

  /** Compiles the next thing that waits; false if none did. Throws where a schema isn't understood. */
  next(): boolean {
    const compile = this.#waiting.shift()
    compile?.()
    return compile !== undefined
  }

  /** A schema that isn't understood is our mistake: it ends the process here rather than at somebody's request. */
  #continue(): void {
    setImmediate(() => {
      if (this.next()) this.#continue()
    })
  }
}
