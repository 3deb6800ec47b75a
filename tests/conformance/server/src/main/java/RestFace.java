import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.IValidationSupport;
import ca.uhn.fhir.interceptor.api.IInterceptorService;
import ca.uhn.fhir.jpa.api.config.JpaStorageSettings;
import ca.uhn.fhir.jpa.api.dao.IFhirSystemDao;
import ca.uhn.fhir.jpa.provider.JpaCapabilityStatementProvider;
import ca.uhn.fhir.jpa.provider.JpaSystemProvider;
import ca.uhn.fhir.jpa.provider.ValueSetOperationProvider;
import ca.uhn.fhir.jpa.search.DatabaseBackedPagingProvider;
import ca.uhn.fhir.parser.StrictErrorHandler;
import ca.uhn.fhir.rest.api.EncodingEnum;
import ca.uhn.fhir.rest.api.server.RequestDetails;
import ca.uhn.fhir.rest.server.ETagSupportEnum;
import ca.uhn.fhir.rest.server.RestfulServer;
import ca.uhn.fhir.rest.server.interceptor.RequestValidatingInterceptor;
import ca.uhn.fhir.rest.server.provider.ResourceProviderFactory;
import ca.uhn.fhir.rest.server.util.ISearchParamRegistry;
import ca.uhn.fhir.validation.IInstanceValidatorModule;
import jakarta.servlet.http.HttpServletRequest;
import jakarta.servlet.http.HttpServletResponse;
import org.springframework.context.ApplicationContext;

/** What the server answers over HTTP: every resource, transactions, operations, its capabilities. It is strict. */
class RestFace extends RestfulServer {
    private final transient ApplicationContext application;

    RestFace(ApplicationContext application) {
        super(application.getBean(FhirContext.class));
        this.application = application;
    }

    @Override
    protected void initialize() {
        registerProviders(application.getBean(ResourceProviderFactory.class).createProviders());
        registerProvider(application.getBean(JpaSystemProvider.class));
        registerProvider(application.getBean(ValueSetOperationProvider.class));
        setServerConformanceProvider(new JpaCapabilityStatementProvider(
                this,
                application.getBean(IFhirSystemDao.class),
                application.getBean(JpaStorageSettings.class),
                application.getBean(ISearchParamRegistry.class),
                application.getBean("myJpaValidationSupportChain", IValidationSupport.class)));
        var pages = application.getBean(DatabaseBackedPagingProvider.class);
        pages.setMaximumPageSize(500);
        setPagingProvider(pages);
        setInterceptorService(application.getBean(IInterceptorService.class));
        setDefaultResponseEncoding(EncodingEnum.JSON);
        setETagSupport(ETagSupportEnum.ENABLED);
        refuseWhatIsNotValid();
    }

    /** Answer 422 to whatever the reference validator calls an error, unknown elements included. */
    private void refuseWhatIsNotValid() {
        getFhirContext().setParserErrorHandler(new StrictErrorHandler());
        var validating = new ValidatingUnlessAsked();
        validating.addValidatorModule(application.getBean(IInstanceValidatorModule.class));
        registerInterceptor(validating);
    }

    /** Validates every request but those that ask for validation, which are answered with what was found. */
    private static final class ValidatingUnlessAsked extends RequestValidatingInterceptor {
        @Override
        public boolean incomingRequestPostProcessed(
                RequestDetails details, HttpServletRequest request, HttpServletResponse response) {
            return "$validate".equals(details.getOperation())
                    || super.incomingRequestPostProcessed(details, request, response);
        }
    }
}
