# landplaster on a server: a static program in an image that holds nothing else, run by nobody.
#     cargo xtask dist linux
#     docker build -t landplaster target/x86_64-linux/x86_64-unknown-linux-gnu/dist -f Dockerfile
#     docker run --rm --read-only --network none --user "$(id -u):$(id -g)" -v "$PWD:/fields" \
#         landplaster plan farm.toml
FROM scratch
COPY landplaster /landplaster
USER 65534:65534
WORKDIR /fields
ENTRYPOINT ["/landplaster"]
