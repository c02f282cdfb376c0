FROM node:24-slim
WORKDIR /app
COPY package.json package-lock.json .npmrc ./
COPY packages packages
RUN npm ci --omit=dev --omit=optional --ignore-scripts && chown -R node /app
USER node
EXPOSE 8080
# A submission leaves some hundred kB behind; a larger nursery for them halves the work of clearing up.
CMD ["node", "--max-semi-space-size=64", "packages/service/src/main.ts"]
