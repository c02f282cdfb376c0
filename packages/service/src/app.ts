/** The application: what goes around every request, then the slices, by name and in reading order. */
import { type FastifyBaseLogger, type FastifyInstance, fastify, LogController } from 'fastify'
import { keyAuthenticator } from './access/authenticate.ts'
import { accessRoutes } from './access/routes.ts'
import type { Deps } from './deps.ts'
import { evaluationRoutes } from './evaluations/routes.ts'
import { fieldTestRoutes } from './field-tests/routes.ts'
import { registerAbout } from './http/about.ts'
import { registerAuth } from './http/auth.ts'
import { registerBody } from './http/body.ts'
import { clientErrorHandler, registerErrorHandler, sendError } from './http/error-handler.ts'
import { healthRoutes } from './http/health.ts'
import { registerOpenApi } from './http/openapi.ts'
import { registerRequests, requestId } from './http/requests.ts'
import { textCompiler } from './http/validator.ts'
import { contextRoutes } from './registry/context-route.ts'
import { firmRoutes } from './registry/firms.ts'
import { instrumentRoutes } from './registry/instruments.ts'
import { plantRoutes } from './registry/plants.ts'
import { testerRoutes } from './registry/testers.ts'
import { traceRoutes } from './traces/routes.ts'

export const VERSION = '0.1.0'

export async function buildApp(deps: Deps): Promise<FastifyInstance> {
  const { config } = deps
  const app = fastify({
    loggerInstance: deps.log as FastifyBaseLogger,
    // One line at the end of a request, made in requests.ts.
    logController: new LogController({ disableRequestLogging: true }),
    genReqId: requestId,
    clientErrorHandler: clientErrorHandler(config, deps.newId),
    frameworkErrors: (error, request, reply) => void sendError(error, config, request, reply),
    // A connection that is being drained still gets its answers.
    return503OnClosing: false,
    http: { headersTimeout: 10_000, maxHeaderSize: 16_384 },
    requestTimeout: 30_000,
    keepAliveTimeout: 65_000,
    routerOptions: { maxParamLength: 100 },
  })
  app.decorate('lifecycle', { stopping: false })
  app.setValidatorCompiler(textCompiler)
  registerRequests(app, config)
  // Before any route, so that no error is answered in another form.
  registerErrorHandler(app, config)
  registerAuth(app, keyAuthenticator(deps))
  registerBody(app)
  await registerOpenApi(app, VERSION)
  registerAbout(app)

  await app.register(healthRoutes, deps)
  await app.register(accessRoutes, deps)
  await app.register(firmRoutes, deps)
  await app.register(plantRoutes, deps)
  await app.register(testerRoutes, deps)
  await app.register(instrumentRoutes, deps)
  await app.register(contextRoutes, deps)
  await app.register(evaluationRoutes, deps)
  await app.register(fieldTestRoutes, deps)
  await app.register(traceRoutes, deps)
  return app
}
