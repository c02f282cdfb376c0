/** `/v1/work-lists`: what needs a person. */
import type { FastifyPluginAsync } from 'fastify'
import type { Deps } from '../deps.ts'
import { lapsesRoute } from './lapses-route.ts'
import { plantsDueRoute } from './plants-due-route.ts'
import { plantsFallingRoute } from './plants-falling-route.ts'
import { standingLevelsRoute } from './standing-levels-route.ts'

export const workListRoutes: FastifyPluginAsync<Deps> = async (app, deps) => {
  await app.register(plantsDueRoute, deps)
  await app.register(plantsFallingRoute, deps)
  await app.register(lapsesRoute, deps)
  await app.register(standingLevelsRoute, deps)
}
